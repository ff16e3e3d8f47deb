//! When each receiver could be thrown to.
