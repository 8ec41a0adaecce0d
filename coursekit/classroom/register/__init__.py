"""The class folder: roster, settings, secret, lock and backup, stamps, former ids."""
