//! Figures and documents as bytes.
