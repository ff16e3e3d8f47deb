//! Invented plays and film with truth.
