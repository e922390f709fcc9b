"""Files out: netlists as XML and as tables, the schema, templates; written whole or not at all."""
