"""Each test that the threat model and the table of faults name is there, by its whole name.

Usage: threats_test.py TREE
"""
import pathlib
import re
import sys
import unittest

TREE = pathlib.Path(sys.argv[1])


def names_of_tests():
    names = set()
    for file in (TREE / "tests").rglob("*.cpp"):
        text = re.sub(r'"\s*\n\s*"', "", file.read_text(encoding="utf-8"))
        names |= {match.replace('\\"', '"') for match in re.findall(r'TEST_CASE\(\s*"((?:[^"\\]|\\.)*)"', text)}
    for file in (TREE / "tests").rglob("*.mjs"):
        names |= set(re.findall(r'^test\("([^"]+)"', file.read_text(encoding="utf-8"), re.M))
    for file in (TREE / "tests/package").glob("*_test.py"):
        names |= {name.replace("_", " ") for name in re.findall(r"def test_(\w+)\(", file.read_text(encoding="utf-8"))}
    return names


class Threats(unittest.TestCase):
    def test_each_test_that_the_threat_model_and_the_faults_name_is_there(self):
        known = names_of_tests()
        for guide in ("deploy/security.md", "deploy/faults.md"):
            text = (TREE / guide).read_text(encoding="utf-8")
            named = [re.sub(r"\s+", " ", name) for name in re.findall(r"«([^»]+)»", text)]
            self.assertGreater(len(named), 20, guide)
            self.assertEqual([name for name in named if name not in known], [], guide)

    def test_each_of_the_five_has_what_stops_it_and_what_does_not(self):
        text = (TREE / "deploy/security.md").read_text(encoding="utf-8")
        parts = re.split(r"^## ", text, flags=re.M)[1:]
        threats = [part for part in parts if part[0].isdigit()]
        self.assertEqual(len(threats), 5)
        for part in threats:
            self.assertIn("«", part)
            self.assertIn("**What does not stop it.**", part)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
