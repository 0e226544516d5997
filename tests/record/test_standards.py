"""What the record rests on, against the published examples. All values are from memory of the
documents; a wrong one would fail, since the libraries are not ours."""

import struct
from datetime import timedelta

import numpy as np
import pytest
import rfc8785
import soundfile
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey

from handsfree.hearing.audio import SAMPLE_RATE, Audio
from handsfree.record.chain import link
from handsfree.record.clips import encode_flac
from handsfree.record.keys import Keys

# RFC 8785, appendix B: the bits of a double, and how it is written.
DOUBLES = {
    "0000000000000000": "0",
    "8000000000000000": "0",
    "0000000000000001": "5e-324",
    "8000000000000001": "-5e-324",
    "7fefffffffffffff": "1.7976931348623157e+308",
    "ffefffffffffffff": "-1.7976931348623157e+308",
    "4340000000000000": "9007199254740992",
    "c340000000000000": "-9007199254740992",
    "4430000000000000": "295147905179352830000",
    "44b52d02c7e14af5": "9.999999999999997e+22",
    "44b52d02c7e14af6": "1e+23",
    "44b52d02c7e14af7": "1.0000000000000001e+23",
    "444b1ae4d6e2ef4e": "999999999999999700000",
    "444b1ae4d6e2ef4f": "999999999999999900000",
    "444b1ae4d6e2ef50": "1e+21",
    "3eb0c6f7a0b5ed8c": "9.999999999999997e-7",
    "3eb0c6f7a0b5ed8d": "0.000001",
    "41b3de4355555553": "333333333.3333332",
    "41b3de4355555554": "333333333.33333325",
    "41b3de4355555555": "333333333.3333333",
    "41b3de4355555556": "333333333.3333334",
    "41b3de4355555557": "333333333.33333343",
    "becbf647612f3696": "-0.0000033333333333333333",
    "43143ff3c1cb0959": "1424953923781206.2",
}


@pytest.mark.parametrize("bits", DOUBLES)
def test_a_double_is_written_as_rfc_8785_writes_it(bits: str) -> None:
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    assert rfc8785.dumps(value).decode() == DOUBLES[bits]


@pytest.mark.parametrize("bits", ["7fffffffffffffff", "7ff0000000000000"])
def test_a_double_that_is_no_number_is_refused_as_rfc_8785_demands(bits: str) -> None:
    (value,) = struct.unpack(">d", bytes.fromhex(bits))
    with pytest.raises(rfc8785.FloatDomainError):
        rfc8785.dumps(value)


def test_keys_are_sorted_as_in_rfc_8785_3_2_3() -> None:
    """By UTF-16 code units, so that a smiley comes before a Hebrew letter of a higher code."""
    keys = ("\u20ac", "\r", "\ufb33", "1", "\U0001f600", "\u0080", "\u00f6")
    order = ("\r", "1", "\u0080", "\u00f6", "\u20ac", "\U0001f600", "\ufb33")
    written = rfc8785.dumps(dict.fromkeys(keys, "")).decode()
    assert written == "{" + ",".join(f'{_quoted(key)}:""' for key in order) + "}"


def _quoted(key: str) -> str:
    return '"\\r"' if key == "\r" else f'"{key}"'


def test_the_example_of_rfc_8785_3_2_2() -> None:
    value: dict[str, object] = {
        "numbers": [333333333.33333329, 1e30, 4.50, 2e-3, 0.000000000000000000000000001],
        "string": "\u20ac$\u000f\u000aA'\u0042\u0022\u005c\\\"/",
        "literals": [None, True, False],
    }
    assert rfc8785.dumps(value).decode() == (  # type: ignore[arg-type]
        '{"literals":[null,true,false],"numbers":[333333333.3333333,1e+30,4.5,0.002,1e-27],'
        '"string":"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"}'
    )


# FIPS 180-4 and its example files (NIST): message and SHA-256.
HASHES = {
    b"": "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    b"abc": "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad",
    b"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq": (
        "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1"
    ),
    b"a" * 1_000_000: "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0",
}


@pytest.mark.parametrize("message", HASHES, ids=lambda each: f"{len(each)} bytes")
def test_the_chain_is_linked_by_sha256(message: bytes) -> None:
    assert link(message) == HASHES[message]


# RFC 8032, 7.1, tests 1 to 3: secret key, public key, message, signature.
SIGNATURES = [
    (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        "",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e065224901555fb8821590a33bacc61e39701cf9b"
        "46bd25bf5f0595bbe24655141438e7a100b",
    ),
    (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        "72",
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da085ac1e43e15996e458f3613d0f11"
        "d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        "af82",
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac18ff9b538d16f290ae67f760984dc"
        "6594a7c15e9716ed28dc027beceea1ec40a",
    ),
]


@pytest.mark.parametrize(("secret", "public", "message", "signature"), SIGNATURES)
def test_a_key_signs_as_rfc_8032_does(
    secret: str, public: str, message: str, signature: str
) -> None:
    keys = Keys("T. Person", Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret)))
    assert keys.public == public
    assert keys.sign(bytes.fromhex(message)) == signature


@pytest.mark.parametrize("length", [1, 2, 4095, 4096, 4097, SAMPLE_RATE])
def test_a_clip_comes_back_from_libsndfile_bit_for_bit(tmp_path: object, length: int) -> None:
    """FLAC is lossless (RFC 9639); every 16-bit value, and lengths around a block."""
    import io

    every = np.arange(-32768, 32768, dtype=np.int32)
    samples = np.resize(np.random.default_rng(length).permutation(every), length).astype(np.int16)
    content = encode_flac(Audio((samples / 32768).astype(np.float32), timedelta(0)))
    back, rate = soundfile.read(io.BytesIO(content), dtype="int16", always_2d=False)
    assert rate == SAMPLE_RATE
    assert np.array_equal(back, samples)
