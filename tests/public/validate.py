"""Holds files against outside schemas and readers; what is wrong comes out as JSON: {"FILE": ["fault", ...]}.

    validate.py WHERE lido|linked-art|iiif|tiles|dublin-core|linked-art-graph|annotations FILE...

Validators: lxml 6.1.3 (XSD 1.0, RelaxNG not needed), jsonschema 4.26.0, iiif-prezi3 3.1.1 (a second reader of manifests),
iiif-validator 1.0.5. WHERE is a folder with lido/lido-v1.1.xsd, linked-art/schema/*.json (Linked Art API 1.0) and
iiif/schema/iiif_3_0.json (of the IIIF validator); of tiles, the address at which they are to lie; of graphs, see graphs.py.
"""

import json
import pathlib
import sys

import graphs


def lido(schemas, files):
    from lxml import etree

    # The schema imports by relative paths; nothing is fetched.
    parser = etree.XMLParser(no_network=True)
    schema = etree.XMLSchema(etree.parse(str(pathlib.Path(schemas) / "lido" / "lido-v1.1.xsd"), parser))
    for file in files:
        try:
            document = etree.parse(file, parser)
        except etree.XMLSyntaxError as broken:
            yield file, [f"no XML: {broken}"]
            continue
        schema.validate(document)
        yield file, [f"line {fault.line}: {fault.message}" for fault in schema.error_log]


def linked_art(schemas, files):
    from jsonschema import Draft202012Validator, FormatChecker
    from referencing import Registry, Resource

    registry, by_type = Registry(), {}
    for path in sorted((pathlib.Path(schemas) / "linked-art" / "schema").glob("*.json")):
        schema = json.loads(path.read_text())
        registry = registry.with_resource(schema["$id"], Resource.from_contents(schema))
        by_type[path.stem] = schema
    kinds = {"HumanMadeObject": "object", "VisualItem": "image"}
    for file in files:
        document = json.loads(pathlib.Path(file).read_text())
        schema = by_type.get(kinds.get(document.get("type"), ""))
        if schema is None:
            yield file, [f"no schema for `{document.get('type')}`"]
            continue
        checker = Draft202012Validator(schema, registry=registry, format_checker=FormatChecker())
        yield file, [f"{fault.json_path}: {fault.message[:300]}" for fault in checker.iter_errors(document)]


def iiif(schemas, files):
    """Manifests, collections of them, and each annotation of a collection of Web Annotations."""
    import iiif_prezi3
    from jsonschema import Draft7Validator, FormatChecker

    schema = json.loads((pathlib.Path(schemas) / "iiif" / "schema" / "iiif_3_0.json").read_text())
    of_annotations = {"classes": schema["classes"], "types": schema["types"], **schema["classes"]["annotation"]}
    for file in files:
        text = pathlib.Path(file).read_text()
        document = json.loads(text)
        kind, by, parts = document.get("type"), schema, [document]
        if kind == "AnnotationCollection":
            # IIIF wants addresses of the web where the W3C takes any IRI.
            document = json.loads(text.replace('"urn:', '"http://urn.invalid/'))
            kind, by, parts = "Annotation", of_annotations, document["first"]["items"]
        faults = [] if parts else ["nothing is annotated"]
        for part in parts:
            wrong = Draft7Validator(by, format_checker=FormatChecker()).iter_errors(part)
            faults += [f"{fault.json_path}: {fault.message[:300]}" for fault in wrong]
            if kind not in ("Manifest", "Collection", "Annotation"):
                faults.append(f"`{kind}` is neither a manifest nor a collection")
                continue
            try:
                getattr(iiif_prezi3, kind).model_validate_json(json.dumps(part))
            except ValueError as wrong:
                faults.append(f"iiif-prezi3: {str(wrong)[:600]}")
        yield file, faults


def tiles(base, files):
    """Each info.json at its address below `base`, from the plain web server of Python."""
    import contextlib
    import functools
    import http.server
    import io
    import threading
    import types
    import urllib.parse

    sys.modules["magic"] = types.ModuleType("magic")  # for its tests of PDF and JPEG 2000 alone
    with contextlib.redirect_stdout(io.StringIO()):  # it greets whoever imports it
        from iiif_validator.validator import ImageAPI, TestSuite, ValidationInfo

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_):
            pass

    at = urllib.parse.urlsplit(base)
    folder = functools.partial(Quiet, directory=pathlib.Path(files[0]).parents[2])
    with http.server.ThreadingHTTPServer((at.hostname, at.port), folder) as server:
        threading.Thread(target=server.serve_forever, daemon=True).start()
        for file in files:
            image = ImageAPI(pathlib.Path(file).parent.name, at.netloc, "photographs", version="3.0", debug=False)
            try:
                TestSuite(ValidationInfo()).run_test("info_json", image)
                faults = [str(image.exception)] if image.exception else []
            except Exception as wrong:
                faults = [f"{type(wrong).__name__}: {wrong}"]
            yield file, faults
        server.shutdown()


def main():
    where, kind, files = sys.argv[1], sys.argv[2], sys.argv[3:]
    check = {
        "lido": lido, "linked-art": linked_art, "iiif": iiif, "tiles": tiles,
        "dublin-core": graphs.dublin_core, "linked-art-graph": graphs.linked_art, "annotations": graphs.annotations,
    }[kind]
    print(json.dumps(dict(check(where, files))))


main()
