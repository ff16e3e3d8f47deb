//! The field's markings by rule book, in yards.
