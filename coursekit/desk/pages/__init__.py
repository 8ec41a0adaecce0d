"""The desk's pages, each a module: the facts that it shows, and the handler that shows them."""
