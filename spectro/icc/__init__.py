"""ICC profile bytes: header, tag table, tag types, and the evaluation of tables."""
