"""Which class is open, and how another is opened."""

from __future__ import annotations

from pathlib import Path

from coursekit.classroom.register.class_folder import ClassError
from coursekit.desk.page import DeskPage
from coursekit.desk.state import Kept


class Classes(DeskPage):
    """The classes that were open before."""

    needs_class = False

    def get(self) -> None:
        """Show them."""
        self.ask("")

    def ask(self, error: str) -> None:
        """Show the page; `error` says why a class could not be opened."""
        known = [path for path in Kept.of_this_user().classes if Path(path).is_dir()]
        self.show("classes", known=known, error=error, typed=self.fields.get("path", ""))

    def post(self) -> None:
        """Open the one that was chosen."""
        path = Path(self.fields.get("path", "").strip()).expanduser()
        try:
            self.desk.open(path)
        except (ClassError, OSError) as error:
            self.set_status(422)
            self.ask(str(error))
            return
        self.redirect("/", status=303)
