"""Documents read as graphs, and held against the vocabularies whose words they use.

pyld 3.3.0 expands JSON-LD; cromulent 1.0.1 brings the context of Linked Art and a reader of it; rdflib 7.6.0 reads the rest.
The vocabularies are those of npm, in the folder `where`: @vocabulary/dc11 and dcterms (DCMI), crm (CIDOC CRM 7) and oa (W3C).
"""

import contextlib
import io
import json
import pathlib

import rdflib
from rdflib.namespace import DC, DCMITYPE, DCTERMS, RDF, RDFS

CRM = rdflib.Namespace("http://www.cidoc-crm.org/cidoc-crm/")
# CRMdig 3.2: a Digital Object is an Information Object. CIDOC CRM itself does not know it.
DIGITAL_OBJECT = rdflib.URIRef("http://www.ics.forth.gr/isl/CRMdig/D1_Digital_Object")
# What a name becomes that is relative to nothing.
NOWHERE = "http://nowhere.invalid/"
LINKED_ART = "https://linked.art/ns/v1/linked-art.json"


def vocabulary(where, *names):
    known = rdflib.Dataset(default_union=True)
    for name in names:
        known.parse(pathlib.Path(where) / name / f"{name}.nq", format="nquads")
    return known


def dublin_core(where, files):
    """The fifteen elements as DCMI's own schemas define them: by dcterms, literals where nothing else may stand, and what is
    named by an address is a resource, not words."""
    known = vocabulary(where, "dc11", "dcterms")
    for file in files:
        graph = rdflib.Graph()
        try:
            graph.parse(file, format="xml")
        except Exception as broken:  # the parser raises whatever its parts do
            yield file, [f"no RDF/XML: {broken}"]
            continue
        faults = []
        for subject, element, value in graph:
            name = element.removeprefix(str(DC))
            if not element.startswith(str(DC)) or (element, RDF.type, RDF.Property) not in known:
                faults.append(f"no element of the fifteen: {element}")
                continue
            words = isinstance(value, rdflib.Literal)
            literal = (DCTERMS[name], RDFS.range, RDFS.Literal) in known
            if literal and not words:
                faults.append(f"{subject}: {name} takes words, not {value}")
            if words and not literal and str(value).startswith(("http:", "https:", "urn:")):
                faults.append(f"{subject}: {name} has the address {value} as words")
            if name == "type" and not words and str(value).removeprefix(str(DCMITYPE)) not in DCMITYPE:
                faults.append(f"{subject}: {value} is no type of the DCMI Type Vocabulary")
        for subject in set(graph.subjects()):
            for needed in (DC.title, DC.identifier, DC.type):
                if (subject, needed, None) not in graph:
                    faults.append(f"{subject} has no {needed}")
        yield file, faults


def expanded(document, contexts):
    """The graph of a JSON-LD document, and the keys that its contexts do not know. Nothing is fetched."""
    from pyld import jsonld

    def loader(url, _):
        return {"contextUrl": None, "documentUrl": url, "document": contexts[url]}

    dropped, options = [], {"documentLoader": loader, "base": NOWHERE}
    jsonld.expand(document, options, on_property_dropped=dropped.append)
    quads = jsonld.to_rdf(document, {**options, "format": "application/n-quads"})
    return rdflib.Dataset(default_union=True).parse(data=quads, format="nquads"), dropped


def held(graph, known):
    """Each class and property is there, and what each property joins is of the classes that it is for."""

    def above(node):
        kinds = {*graph.objects(node, RDF.type), *known.objects(node, RDF.type)}
        return {cls for kind in kinds for cls in known.transitive_objects(kind, RDFS.subClassOf)}

    for subject, property, value in graph.triples((None, None, None)):
        if str(value).startswith(NOWHERE):
            yield f"{value.removeprefix(NOWHERE)} is neither an address nor a known word"
        elif property == RDF.type:
            if (value, RDF.type, RDFS.Class) not in known:
                yield f"no class {value}"
        elif (property, RDF.type, RDF.Property) not in known:
            yield f"no property {property}"
        else:
            for side, node in ((RDFS.domain, subject), (RDFS.range, value)):
                wanted, are = set(known.objects(property, side)), above(node)
                if are and wanted and not wanted & are:
                    yield f"{property} is no {side.fragment} for {node}: {sorted(are)}"


def linked_art(where, files):
    """As JSON-LD over CIDOC CRM, and read by a reader of Linked Art."""
    import cromulent
    from cromulent.reader import Reader

    context = json.loads((pathlib.Path(cromulent.__file__).parent / "data" / "linked-art.json").read_text("utf-8"))
    own = {term["@id"].removeprefix("la:") for term in walked(context) if str(term.get("@id")).startswith("la:")}
    known = vocabulary(where, "crm", "dcterms", "dc11")
    known.add((DIGITAL_OBJECT, RDF.type, RDFS.Class))
    known.add((DIGITAL_OBJECT, RDFS.subClassOf, CRM["E73_Information_Object"]))
    for property in [RDFS.label, *(rdflib.URIRef(f"https://linked.art/ns/terms/{name}") for name in own)]:
        known.add((property, RDF.type, RDF.Property))
    for file in files:
        document = json.loads(pathlib.Path(file).read_text("utf-8"))
        graph, dropped = expanded(document, {LINKED_ART: context})
        faults = [f"the context does not know {key}" for key in dropped] + sorted(held(graph, known))
        said = io.StringIO()
        try:
            with contextlib.redirect_stdout(said):
                Reader().read(document)
        except Exception as refused:  # the reader raises its own and those of its parts
            faults.append(f"cromulent: {type(refused).__name__}: {refused}")
        yield file, faults + said.getvalue().splitlines()


def walked(value):
    if isinstance(value, dict):
        yield value
        for part in value.values():
            yield from walked(part)


# The JSON-LD context of the Web Annotation Vocabulary (W3C Recommendation of 23 February 2017, appendix A), as far as it is used
# here: no package ships it, so it is written out from memory. What it names must be in the vocabularies all the same.
ANNO = "http://www.w3.org/ns/anno.jsonld"
OA = "http://www.w3.org/ns/oa#"
ACTIVITY = "https://www.w3.org/ns/activitystreams#"
IIIF = "http://iiif.io/api/presentation/3#"
TERMS = {
    "id": "@id", "type": "@type",
    **{name: OA + name for name in (
        "Annotation", "SpecificResource", "TextualBody", "FragmentSelector", "SvgSelector",
        "describing", "identifying", "tagging", "linking", "commenting",
    )},
    "AnnotationCollection": ACTIVITY + "OrderedCollection", "AnnotationPage": ACTIVITY + "OrderedCollectionPage",
    "Image": str(DCMITYPE) + "StillImage", "Canvas": IIIF + "Canvas", "PointSelector": IIIF + "PointSelector",
    "motivation": {"@id": OA + "motivatedBy", "@type": "@vocab"}, "purpose": {"@id": OA + "hasPurpose", "@type": "@vocab"},
    "body": {"@id": OA + "hasBody", "@type": "@id"}, "target": {"@id": OA + "hasTarget", "@type": "@id"},
    "source": {"@id": OA + "hasSource", "@type": "@id"}, "selector": {"@id": OA + "hasSelector", "@type": "@id"},
    "value": str(RDF.value), "format": str(DC.format), "conformsTo": {"@id": str(DCTERMS.conformsTo), "@type": "@id"},
    "label": str(RDFS.label), "total": ACTIVITY + "totalItems", "startIndex": ACTIVITY + "startIndex",
    "first": {"@id": ACTIVITY + "first", "@type": "@id"}, "partOf": {"@id": ACTIVITY + "partOf", "@type": "@id"},
    "items": {"@id": ACTIVITY + "items", "@type": "@id", "@container": "@list"}, "x": IIIF + "x", "y": IIIF + "y",
}


def annotations(where, files):
    """Collections of Web Annotations, and the annotations in manifests, by the classes and properties of the W3C."""
    known = vocabulary(where, "oa", "dc11", "dcterms")
    for name, term in [*TERMS.items(), ("first", str(RDF.first)), ("rest", str(RDF.rest))]:
        iri = term["@id"] if isinstance(term, dict) else term
        if not iri.startswith((OA, str(DC), str(DCTERMS))):
            known.add((rdflib.URIRef(iri), RDF.type, RDFS.Class if name[0].isupper() else RDF.Property))
    known.add((rdflib.URIRef(IIIF + "PointSelector"), RDFS.subClassOf, rdflib.URIRef(OA + "Selector")))
    for file in files:
        document = json.loads(pathlib.Path(file).read_text("utf-8"))
        pages = [document.get("first")] if document["type"] == "AnnotationCollection" else [
            page for canvas in document["items"] for page in canvas.get("annotations", [])
        ]
        faults = []
        for page in pages:
            graph, dropped = expanded({"@context": ANNO, **page}, {ANNO: {"@context": TERMS}})
            faults += [f"the context does not know {key}" for key in dropped] + sorted(held(graph, known))
        yield file, faults or ([] if any(page["items"] for page in pages) else ["nothing is annotated"])
