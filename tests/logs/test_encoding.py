from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overlays.logs.encoding import encoding_of


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        ("t_s,v\n0,1\n", "utf-8"),
        ("Zeit;Öltemperatur °C\n0;1\n", "utf-8"),
        ("Zeit;Öltemperatur °C\n0;1\n", "cp1252"),
        ("Temps;Débit créé à l’été\n0;1\n", "cp1252"),
        ("Tid;Tryck på ventilhållare – “två”\n0;1\n", "cp1252"),
        ("時間,荷重\n0,1\n", "cp932"),
        ("時間,荷重\n0,1\n", "euc_jp"),
        ("时间,温度\n0,1\n", "gb18030"),
        ("시간,온도\n0,1\n", "euc_kr"),
        ("Время;Давление\n0;1\n", "cp1251"),
        ("Zeit\tTemp\n0\t1\n", "utf-16-le"),
        ("Zeit\tTemp\n0\t1\n", "utf-16-be"),
    ],
)
def test_told_by_bytes(text: str, encoding: str) -> None:
    """The bytes tell the encoding, and a guess is known as one."""
    found, guessed = encoding_of(text.encode(encoding))
    assert (found, guessed) == (encoding, encoding != "utf-8")


@given(st.text(st.sampled_from("abcdefgh ;,\nàâäåæçèéêëîïñòôöøùûüß°µ²"), min_size=1, max_size=200))
def test_letters_of_western_europe(text: str) -> None:
    """Whatever a Western European log says, it is not taken for another alphabet."""
    found, _ = encoding_of(text.encode("cp1252"))
    assert found in {"utf-8", "cp1252", "cp932"}
    if "°" in text or "µ" in text:
        assert found in {"utf-8", "cp1252"}


@given(st.binary(max_size=300))
def test_any_bytes(head: bytes) -> None:
    """Any bytes give an encoding that decodes them."""
    found, _ = encoding_of(head)
    assert isinstance(head.decode(found, "replace"), str)
