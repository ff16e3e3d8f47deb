//! HTTP on loopback.
