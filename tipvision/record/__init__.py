"""The record: what a reading is, in memory and as the JSON that others rely on."""

SCHEMA_VERSION = 1
