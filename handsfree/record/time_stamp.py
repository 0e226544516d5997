"""A time stamp of RFC 3161 over `seal.json`: an authority's word that the seal was there by then.

`seal.tsr` is the authority's answer as it came (a TimeStampResp) and is checked offline. OpenSSL
makes the request and checks the answer as well:

    openssl ts -query -data RECORD/seal.json -sha256 -cert -out seal.tsq
    openssl ts -verify -data RECORD/seal.json -in RECORD/seal.tsr -CAfile ROOTS.pem
"""

from datetime import datetime
from pathlib import Path

from handsfree.errors import HandsfreeError
from handsfree.files.plain import plain_bytes
from handsfree.record.files import SystemFiles, put
from handsfree.record.plain import refuse_what_is_not_plain
from handsfree.record.seal import SEAL

TIME_STAMP = "seal.tsr"


class TimeStampWrong(HandsfreeError):
    """A time stamp is none, or is not over this seal, or is not by an authority that is trusted."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(
            f"{path}: is no time stamp for this seal ({why.rstrip('.')}). Ask the authority for "
            f"one over the {SEAL} that is there now, and name its root certificate with --roots."
        )


class TimeStampInTheWay(HandsfreeError):
    """A new seal would do away with the time stamp over the one that is there."""

    def __init__(self, path: Path) -> None:
        super().__init__(
            f"{path}: an authority's time stamp is over {SEAL} as it is now, and would not be over "
            "the new seal. Keep a copy of both files in another place, add --replace-time-stamp, "
            "and have the new seal stamped. Nothing was written."
        )


def refuse_to_lose_time_stamp(folder: Path, may_be_replaced: bool) -> None:
    """Before a new seal: raises TimeStampInTheWay where nobody said that the stamp may go.

    Raises NotPlain first, for what is no file is no stamp that could be kept.
    """
    refuse_what_is_not_plain(folder)
    path = folder / TIME_STAMP
    if path.exists() and not may_be_replaced:
        raise TimeStampInTheWay(path)


def check_time_stamp(path: Path, seal: bytes, roots: Path) -> datetime:
    """The time that the authority vouches for; raises TimeStampWrong.

    `seal` is the content of `seal.json`, `roots` a PEM file with the certificates that are trusted.
    """
    from cryptography.x509 import load_pem_x509_certificates
    from rfc3161_client import VerificationError, VerifierBuilder, decode_timestamp_response

    try:
        certificates = load_pem_x509_certificates(plain_bytes(roots))
    except (OSError, ValueError) as error:
        raise TimeStampWrong(path, f"{roots} holds no certificates: {error}") from error
    try:
        stamp = decode_timestamp_response(_in_order(plain_bytes(path)))
        VerifierBuilder(roots=certificates).build().verify_message(stamp, seal)
    except (OSError, ValueError, VerificationError) as error:
        raise TimeStampWrong(path, str(error)) from error
    return stamp.tst_info.gen_time


def _in_order(answer: bytes) -> bytes:
    """The answer with its certificates in the order that DER asks of a SET OF (X.690, 11.6).

    OpenSSL sends them as they come, the authority's before its root's, and rfc3161-client takes
    only the right order. Nothing is lost by it: no signature is over this field (RFC 5652, 5.4).
    What is no answer is left as it is, for the verifier to refuse.
    """
    from asn1crypto.cms import CertificateSet
    from asn1crypto.tsp import TimeStampResp

    try:
        response = TimeStampResp.load(answer, strict=True)
        certificates = response["time_stamp_token"]["content"]["certificates"]
        if not isinstance(certificates, CertificateSet):
            return answer  # it brings none
        ordered = b"".join(sorted(each.dump() for each in certificates))
    except (ValueError, TypeError, LookupError):
        return answer
    return answer.replace(certificates.contents, ordered, 1)


def attach_time_stamp(folder: Path, answer: Path, roots: Path) -> datetime:
    """Put an authority's answer beside the seal, after checking it; raises TimeStampWrong."""
    try:
        seal = plain_bytes(folder / SEAL)
    except OSError as error:
        raise TimeStampWrong(answer, f"{folder / SEAL}: {error.strerror}") from error
    when = check_time_stamp(answer, seal, roots)
    try:
        put(SystemFiles(), folder / TIME_STAMP, plain_bytes(answer))
    except OSError as error:
        raise TimeStampWrong(answer, f"{folder}: {error.strerror}") from error
    return when
