"""The parts of DEVELOPERS.md that are made from the code: `python -m tests.generated` renews them."""

from __future__ import annotations

import ast
from pathlib import Path

ROOT = Path(__file__).parent.parent
DEVELOPERS = ROOT / "DEVELOPERS.md"
BEGIN, END = "<!-- modules: begin -->", "<!-- modules: end -->"


def modules() -> str:
    """One line a module: its path and the first sentence of its docstring, folder by folder."""
    rows: list[str] = []
    folder = None
    for file in sorted(
        (ROOT / "scribe").rglob("*.py"), key=lambda p: (p.parent.parts, p.name != "__init__.py", p)
    ):
        doc = ast.get_docstring(ast.parse(file.read_text(encoding="utf-8"))) or ""
        first = " ".join(doc.split("\n\n")[0].split())
        if file.parent != folder:
            folder = file.parent
            rows.append(
                f"\n**{folder.relative_to(ROOT)}/**"
                + (f" {first}" if file.name == "__init__.py" else "")
                + "\n"
            )
        if file.name != "__init__.py":
            rows.append(f"- `{file.name}` {first}")
    return "\n".join(rows).strip() + "\n"


def renewed(text: str) -> str:
    """Return DEVELOPERS.md with its module list made anew."""
    before, rest = text.split(BEGIN)
    _, after = rest.split(END)
    return f"{before}{BEGIN}\n{modules()}{END}{after}"


if __name__ == "__main__":
    DEVELOPERS.write_text(renewed(DEVELOPERS.read_text(encoding="utf-8")), encoding="utf-8")
