"""The commands of `coursekit`, one module a group of them; each is thin over the package."""
