//! Mentions to facts: one file a kind of fact.

pub mod causes;
pub mod equipment;
pub mod fixes;
pub mod outcome;
pub mod symptoms;
