//! Likely causes and the next check.
//!
//! A question as read becomes a [`Case`]; [`rank`] lays the shop's tables over the exact mathematics of [`infer`] and
//! says how likely each cause is and why; [`next`] says which check tells most for its minutes and danger; [`danger`]
//! is asked before any of them: what must stop work is answered first.

mod case;
pub mod danger;
mod evidence;
pub mod infer;
pub mod next;
pub mod rank;

pub use case::{Case, Reported};
pub use evidence::{Piece, Source};
pub use rank::{Likely, Ranking, rank};
