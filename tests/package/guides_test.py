"""Guides lead somewhere: each link is to a file or a heading that is there, and each command has the options it is given.

Usage: guides_test.py TREE PROGRAM
"""
import pathlib
import re
import subprocess
import sys
import unittest

TREE, PROGRAM = pathlib.Path(sys.argv[1]), sys.argv[2]
GUIDES = sorted((TREE / "deploy").glob("*.md"))


def place_of(heading):
    return re.sub(r"[^a-z0-9 _-]", "", heading.lower()).replace(" ", "-")


def commands_of(text):
    """`quietpass …` in blocks, to the end of the line or the next program."""
    for block in re.findall(r"^ *```\n(.*?)^ *```", text, re.M | re.S):
        for line in block.splitlines():
            if found := re.search(r"(?:^|\s)quietpass (?!quietpass )([a-z].*?)(?:'|>|$)", line):
                yield found[1].split()


class Guides(unittest.TestCase):
    def test_each_link_leads_to_what_is_there(self):
        for guide in GUIDES:
            for link in re.findall(r"\]\(([^)\s]+)\)", guide.read_text(encoding="utf-8")):
                file, _, heading = link.partition("#")
                target = (guide.parent / file).resolve() if file else guide
                self.assertTrue(target.exists(), f"{guide.name}: {link}")
                if heading:
                    places = {place_of(one) for one in re.findall(r"^#+ (.*)$", target.read_text(encoding="utf-8"), re.M)}
                    self.assertIn(heading, places, f"{guide.name}: {link}")

    def test_each_command_has_the_options_that_a_guide_gives_it(self):
        seen = 0
        for guide in GUIDES:
            for words in commands_of(guide.read_text(encoding="utf-8")):
                names = [words[0]]
                if words[0] in ("alarms", "finding", "handaudit", "key", "users", "change"):
                    names.append(words[1])
                shown = subprocess.run([PROGRAM, *names, "--help"], capture_output=True, text=True, timeout=60)
                self.assertEqual(shown.returncode, 0, f"{guide.name}: {names}: {shown.stderr}")
                for option in (word for word in words if word.startswith("--")):
                    self.assertRegex(shown.stdout, rf"(?<![\w-]){option}(?![\w-])", f"{guide.name}: {' '.join(words)}")
                    seen += 1
        self.assertGreater(seen, 25)

    def test_no_guide_is_without_its_caution_or_its_place_in_the_list(self):
        index = (TREE / "deploy/README.md").read_text(encoding="utf-8")
        for guide in GUIDES:
            if guide.name != "README.md":
                self.assertIn(f"({guide.name})", index)
        for name in ("first-hour", "contacts", "microphones"):
            text = (TREE / f"deploy/{name}.md").read_text(encoding="utf-8").lower()
            self.assertTrue("lock" in text and ("never" in text or "nothing" in text), name)


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1], verbosity=2)
