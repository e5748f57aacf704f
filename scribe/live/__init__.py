"""The live page: folders are watched, changed bars compiled, changed systems engraved and sent to the browser."""
