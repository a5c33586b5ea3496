"""What a PDF's metadata says of an e-invoice inside it (Factur-X). PURE.

The descriptions go inside the one ``rdf:RDF`` that is there: a block beside it, or
one without ``rdf:about``, is refused by validators of PDF/A. Names and texts are those
of Factur-X 1.0, chapter 6.2.2 and its extension schema.
"""

FILE_NAME = "factur-x.xml"
VERSION, LEVEL = "1.0", "EN 16931"
SCHEMA = "urn:factur-x:pdfa:CrossIndustryDocument:invoice:1p0#"
PROPERTIES = {
    "DocumentFileName": "name of the embedded XML invoice file",
    "DocumentType": "INVOICE",
    "Version": "The actual version of the Factur-X XML schema",
    "ConformanceLevel": "The conformance level of the embedded Factur-X data",
}
SAID = f"""<rdf:Description rdf:about="" xmlns:fx="{SCHEMA}">\
<fx:DocumentType>INVOICE</fx:DocumentType>\
<fx:DocumentFileName>{FILE_NAME}</fx:DocumentFileName>\
<fx:Version>{VERSION}</fx:Version>\
<fx:ConformanceLevel>{LEVEL}</fx:ConformanceLevel>\
</rdf:Description>"""
EXPLAINED = f"""<rdf:Description rdf:about="" \
xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/" \
xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" \
xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">\
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">\
<pdfaSchema:schema>Factur-X PDFA Extension Schema</pdfaSchema:schema>\
<pdfaSchema:namespaceURI>{SCHEMA}</pdfaSchema:namespaceURI>\
<pdfaSchema:prefix>fx</pdfaSchema:prefix>\
<pdfaSchema:property><rdf:Seq>{{properties}}</rdf:Seq></pdfaSchema:property>\
</rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>"""
PROPERTY = """<rdf:li rdf:parseType="Resource">\
<pdfaProperty:name>{name}</pdfaProperty:name>\
<pdfaProperty:valueType>Text</pdfaProperty:valueType>\
<pdfaProperty:category>external</pdfaProperty:category>\
<pdfaProperty:description>{told}</pdfaProperty:description>\
</rdf:li>"""
END = b"</rdf:RDF>"


def with_e_invoice(rdf: bytes) -> bytes:
    """The metadata's RDF with the two descriptions in it."""
    head, end, rest = rdf.rpartition(END)
    if not end:
        raise ValueError("This is no RDF.")
    properties = "".join(
        PROPERTY.format(name=name, told=told) for name, told in PROPERTIES.items()
    )
    more = SAID + EXPLAINED.format(properties=properties)
    return head + more.encode() + end + rest
