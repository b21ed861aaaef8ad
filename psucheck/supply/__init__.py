"""The description of a supply: model, reader, short forms, errors."""
