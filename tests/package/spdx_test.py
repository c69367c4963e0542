"""The list of what is linked: valid SPDX 2.3, and nothing that the programs load is missing from it.

Usage: spdx_test.py FILE PROGRAM…      Source of the rules: SPDX specification 2.3, clauses 6, 7, 10, 11 and annex D.
"""
import copy
import json
import re
import subprocess
import sys
import unittest

FILE, PROGRAMS = sys.argv[1], sys.argv[2:]
KINDS = {"DESCRIBES", "DYNAMIC_LINK", "STATIC_LINK", "DEPENDS_ON", "CONTAINS"}
# Those of SPDX's own list that come up here; another one is looked up and added.
LICENCES = set("""0BSD Apache-2.0 BSD-2-Clause BSD-3-Clause BSD-4-Clause BSL-1.0 CC0-1.0 EPL-1.0 EPL-2.0 FSFULLR FTL
GPL-2.0-only GPL-2.0-or-later GPL-3.0-only GPL-3.0-or-later ISC LGPL-2.0-only LGPL-2.0-or-later LGPL-2.1-only
LGPL-2.1-or-later LGPL-3.0-only LGPL-3.0-or-later MIT MPL-1.1 MPL-2.0 OLDAP-2.8 PSF-2.0 X11 Zlib blessing curl
libpng-2.0""".split())
EXCEPTIONS = {"GCC-exception-3.1", "Linux-syscall-note"}


def faults_of(document):
    """What is not as the specification has it; empty when all is."""
    faults = []

    def want(right, what):
        if not right:
            faults.append(what)

    want(document.get("spdxVersion") == "SPDX-2.3", "spdxVersion")
    want(document.get("dataLicense") == "CC0-1.0", "dataLicense")
    want(document.get("SPDXID") == "SPDXRef-DOCUMENT", "SPDXID")
    want(document.get("name"), "name")
    want(re.fullmatch(r"https://[^#\s]+", document.get("documentNamespace", "")), "documentNamespace")
    created = document.get("creationInfo", {})
    want(re.fullmatch(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ", created.get("created", "")), "created")
    want(created.get("creators") and all(re.match(r"(Tool|Person|Organization): \S", one) for one in created["creators"]),
         "creators")
    own = {one.get("licenseId"): one for one in document.get("hasExtractedLicensingInfos", [])}
    for name, one in own.items():
        want(re.fullmatch(r"LicenseRef-[A-Za-z0-9.-]+", name or "") and one.get("extractedText"), f"licence {name}")
    known = {"SPDXRef-DOCUMENT"}
    for package in document.get("packages", []):
        name = package.get("name")
        identifier = package.get("SPDXID", "")
        want(re.fullmatch(r"SPDXRef-[A-Za-z0-9.-]+", identifier), f"{name}: SPDXID")
        want(identifier not in known, f"{name}: twice")
        known.add(identifier)
        want(name and package.get("versionInfo"), f"{name}: version")
        want(package.get("downloadLocation") == "NOASSERTION", f"{name}: downloadLocation")
        want(package.get("filesAnalyzed") is False, f"{name}: filesAnalyzed")
        for key in ("licenseDeclared", "licenseConcluded"):
            for word in re.split(r"[\s()]+", package.get(key, "?")):
                want(word in LICENCES | EXCEPTIONS | {"AND", "OR", "WITH", "NOASSERTION"} or word in own, f"{name}: {key} {word}")
        for reference in package.get("externalRefs", []):
            want(reference.get("referenceCategory") == "PACKAGE-MANAGER" and reference.get("referenceType") == "purl"
                 and reference.get("referenceLocator", "").startswith("pkg:"), f"{name}: externalRefs")
    for relation in document.get("relationships", []):
        want(relation.get("relationshipType") in KINDS, "relationshipType")
        for end in ("spdxElementId", "relatedSpdxElement"):
            want(relation.get(end) in known, f"relationship to {relation.get(end)}")
    want(any(one.get("relationshipType") == "DESCRIBES" for one in document.get("relationships", [])), "DESCRIBES")
    return faults


class Spdx(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        with open(FILE, encoding="utf-8") as opened:
            cls.document = json.load(opened)
        cls.packages = {package["name"]: package for package in cls.document["packages"]}

    def test_it_is_valid(self):
        self.assertEqual(faults_of(self.document), [])

    def test_what_is_not_valid_would_be_found(self):
        for spoil in (lambda one: one.pop("dataLicense"), lambda one: one["packages"][3].pop("versionInfo"),
                      lambda one: one["packages"][3].update(licenseDeclared="Freeware"),
                      lambda one: one["packages"].append(one["packages"][1]),
                      lambda one: one["relationships"][2].update(relatedSpdxElement="SPDXRef-nobody")):
            spoilt = copy.deepcopy(self.document)
            spoil(spoilt)
            self.assertNotEqual(faults_of(spoilt), [])

    def test_each_library_that_the_programs_name_is_in_it_with_version_and_licence(self):
        named = set()
        for program in PROGRAMS:
            shown = subprocess.run(["readelf", "-d", program], check=True, capture_output=True, text=True).stdout
            named |= set(re.findall(r"\(NEEDED\).*\[(.+)\]", shown))
        self.assertGreater(len(named), 15)
        said = " ".join(package.get("comment", "") for package in self.document["packages"])
        for library in named:
            self.assertRegex(said, r"Linked: [^.]*(?:\.[^ ][^.]*)*" + re.escape(library))
        for relation in self.document["relationships"]:
            if relation["relationshipType"] in ("DYNAMIC_LINK", "STATIC_LINK", "CONTAINS"):
                [package] = [one for one in self.document["packages"] if one["SPDXID"] == relation["relatedSpdxElement"]]
                self.assertNotEqual(package["licenseDeclared"], "NOASSERTION", package["name"])

    def test_versions_are_those_that_are_installed(self):
        for name in ("libportaudio2", "libsqlite3-0", "libsodium23", "libssl3"):
            shown = subprocess.run(["dpkg-query", "-W", "-f", "${Version}\n", name], check=True, capture_output=True, text=True)
            self.assertEqual(self.packages[name]["versionInfo"], shown.stdout.splitlines()[0])

    def test_what_is_only_compiled_in_and_what_the_page_holds_is_in_it(self):
        for name in ("nlohmann-json3-dev", "libcli11-dev", "libsqlitecpp-dev", "lit", "wavesurfer.js"):
            self.assertIn(name, self.packages)
        for name in ("esbuild", "typescript", "playwright-core", "catch2"):
            self.assertNotIn(name, self.packages)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
