//! Likely causes and the next check.
//!
//! [`infer`] is the mathematics; the rest lays the shop's tables over it.

pub mod infer;
