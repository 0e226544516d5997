"""Time stamps of RFC 3161: made by OpenSSL as the authority, checked by us and by OpenSSL."""

import shutil
import subprocess
from datetime import UTC, datetime
from pathlib import Path

import pytest

from handsfree.record.seal import SealUnreadable
from handsfree.record.time_stamp import TimeStampWrong, attach_time_stamp
from handsfree.record.verify import verify
from tests.how_many import one_of
from tests.record.runs import go_on, hold

pytestmark = pytest.mark.skipif(not shutil.which("openssl"), reason="there is no openssl here")

CONFIGURATION = """\
[req]
distinguished_name = name
prompt = no
[name]
CN = Test authority
[root]
basicConstraints = critical,CA:TRUE
keyUsage = critical,keyCertSign
[stamps]
basicConstraints = CA:FALSE
keyUsage = critical,digitalSignature
extendedKeyUsage = critical,timeStamping
[authority]
serial = ./serial
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = sha256, sha384, sha512
ess_cert_id_alg = sha256
"""
CURVE = ("-newkey", "ec", "-pkeyopt", "ec_paramgen_curve:P-256", "-nodes", "-config", "c.cnf")


class Authority:
    """A time stamp authority in a folder."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self.folder = folder
        self.roots = folder / "root.pem"
        (folder / "c.cnf").write_text(CONFIGURATION)
        (folder / "serial").write_text("01\n")
        self._openssl("req", "-x509", *CURVE, "-keyout", "root.key", "-out", "root.pem",
                      "-extensions", "root", "-days", "9000")  # fmt: skip
        self._openssl("req", *CURVE, "-keyout", "tsa.key", "-out", "tsa.csr",
                      "-subj", "/CN=Stamps")  # fmt: skip
        self._openssl("x509", "-req", "-in", "tsa.csr", "-CA", "root.pem", "-CAkey", "root.key",
                      "-out", "tsa.pem", "-extfile", "c.cnf", "-extensions", "stamps",
                      "-days", "9000", "-CAcreateserial")  # fmt: skip

    def stamp(self, file: Path, *more: str, digest: str = "-sha256") -> Path:
        """The authority's answer to a request for this file."""
        self._openssl("ts", "-query", "-data", str(file.resolve()), digest, "-cert",
                      "-out", "q.tsq")  # fmt: skip
        self._openssl("ts", "-reply", "-config", "c.cnf", "-section", "authority",
                      "-queryfile", "q.tsq", "-signer", "tsa.pem", "-inkey", "tsa.key",
                      "-out", "r.tsr", *more)  # fmt: skip
        return self.folder / "r.tsr"

    def agrees(self, file: Path, answer: Path) -> bool:
        """Whether OpenSSL finds that the answer is over the file."""
        done = subprocess.run(
            ["openssl", "ts", "-verify", "-data", file, "-in", answer, "-CAfile", self.roots],
            capture_output=True,
            check=False,
        )
        return done.returncode == 0

    def _openssl(self, *words: str) -> None:
        subprocess.run(["openssl", *words], cwd=self.folder, capture_output=True, check=True)


@pytest.fixture(scope="module")
def authority(tmp_path_factory: pytest.TempPathFactory) -> Authority:
    return Authority(tmp_path_factory.mktemp("tsa") / "authority")


@pytest.fixture
def record(tmp_path: Path) -> Path:
    hold(tmp_path / "run")
    return tmp_path / "run"


def test_a_time_stamp_is_checked_attached_and_verified(authority: Authority, record: Path) -> None:
    when = attach_time_stamp(record, authority.stamp(record / "seal.json"), authority.roots)
    assert abs((datetime.now(UTC) - when).total_seconds()) < 3600
    assert verify(record, roots=authority.roots).problems == ()
    assert authority.agrees(record / "seal.json", record / "seal.tsr")


def test_an_answer_that_brings_its_root_certificate_is_accepted(
    authority: Authority, tmp_path: Path
) -> None:
    """RFC 3161, 2.4.1, with certReq: an answer may bring other certificates beside its own."""
    other = Authority(tmp_path / "other")
    all_of_them = tmp_path / "all.pem"
    all_of_them.write_bytes(authority.roots.read_bytes() + other.roots.read_bytes())
    tried = 0
    for chain in (authority.roots, all_of_them):
        for digest in ("-sha256", "-sha384", "-sha512"):
            folder = tmp_path / f"run{tried}"
            hold(folder)
            seal = folder / "seal.json"
            answer = authority.stamp(seal, "-chain", str(chain), digest=digest)
            assert authority.agrees(seal, answer)
            when = attach_time_stamp(folder, answer, authority.roots)
            found = verify(folder, roots=authority.roots)
            assert (found.problems, found.stamped) == ((), when)
            assert (folder / "seal.tsr").read_bytes() == answer.read_bytes()
            with pytest.raises(TimeStampWrong):
                attach_time_stamp(folder, answer, other.roots)
            tried += 1
    print(f"{tried} answers with other certificates accepted")


def test_an_answer_without_certificates_is_told(
    authority: Authority, record: Path, tmp_path: Path
) -> None:
    refused = tmp_path / "refused.tsr"
    # TimeStampResp ::= SEQUENCE { status PKIStatusInfo { rejection (2) } }, without a token.
    refused.write_bytes(bytes.fromhex("30053003020102"))
    with pytest.raises(TimeStampWrong, match="is no time stamp for this seal"):
        attach_time_stamp(record, refused, authority.roots)


def test_a_time_stamp_over_another_file_is_refused(authority: Authority, record: Path) -> None:
    answer = authority.stamp(record / "task.yaml")
    with pytest.raises(TimeStampWrong, match=r"is no time stamp for this seal \(Mismatch"):
        attach_time_stamp(record, answer, authority.roots)
    assert not (record / "seal.tsr").exists()
    assert not authority.agrees(record / "seal.json", answer)


def test_a_time_stamp_by_an_authority_that_is_not_trusted_is_refused(
    authority: Authority, record: Path, tmp_path: Path
) -> None:
    other = Authority(tmp_path / "other")
    with pytest.raises(TimeStampWrong, match="is no time stamp for this seal"):
        attach_time_stamp(record, other.stamp(record / "seal.json"), authority.roots)


def test_a_file_that_is_no_time_stamp_is_refused(authority: Authority, record: Path) -> None:
    with pytest.raises(TimeStampWrong, match=r"ASN\.1 parse error"):
        attach_time_stamp(record, record / "task.yaml", authority.roots)


def test_roots_that_are_no_certificates_are_told(authority: Authority, record: Path) -> None:
    answer = authority.stamp(record / "seal.json")
    with pytest.raises(TimeStampWrong, match=r"task\.yaml holds no certificates"):
        attach_time_stamp(record, answer, record / "task.yaml")


@one_of(7)
def test_most_flipped_bytes_of_a_time_stamp_are_detected(
    authority: Authority, record: Path, apart: int
) -> None:
    """Not all: its status text and the encoding around the token are signed by nobody."""
    attach_time_stamp(record, authority.stamp(record / "seal.json"), authority.roots)
    path = record / "seal.tsr"
    content = path.read_bytes()
    detected = 0
    places = range(0, len(content), apart)
    for at in places:
        path.write_bytes(content[:at] + bytes([content[at] ^ 1]) + content[at + 1 :])
        detected += bool(verify(record, roots=authority.roots).problems)
    print(f"seal.tsr: {len(places)} bytes flipped, {detected} detected")
    assert detected > 0.9 * len(places)


def test_a_seal_after_the_time_stamp_lets_it_go(authority: Authority, record: Path) -> None:
    attach_time_stamp(record, authority.stamp(record / "seal.json"), authority.roots)
    go_on(record)
    assert not (record / "seal.tsr").exists()


def test_a_time_stamp_is_not_believed_unchecked(authority: Authority, record: Path) -> None:
    attach_time_stamp(record, authority.stamp(record / "seal.json"), authority.roots)
    assert verify(record).notes == (
        "seal.tsr: not checked. Name the authority's root certificate with --roots.",
    )


def test_roots_that_are_named_demand_a_time_stamp(authority: Authority, record: Path) -> None:
    (problem,) = verify(record, roots=authority.roots).problems
    assert str(problem).startswith("seal.tsr: ")


def test_a_seal_that_is_no_json_is_told(record: Path) -> None:
    from handsfree.record.seal import read_seals

    (record / "seal.json").write_text("{")
    with pytest.raises(SealUnreadable, match="is not a seal as handsfree writes it"):
        read_seals(record)
