//! The study on disk: SQL and migrations.
