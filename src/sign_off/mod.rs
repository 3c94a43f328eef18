//! What a sign-off of a calculation covers, what those of a sheet are worth now, and what stands in the way of another.
//!
//! 1. [`content`] names all that decides a calculation and what its page says, each part with a digest;
//! 2. [`standing`] judges the sign-offs of a sheet against that, and derives the status of the document;
//! 3. [`obstacles`] says why somebody cannot sign in a role;
//! 4. [`reviewed`] says which lines the creator alone has ticked;
//! 5. [`shown`](mod@shown) is what a page shows of it.
//!
//! Keys and signatures are the business of [`crate::signature`]; nothing here reads the disk but through a package.

mod content;
mod creator;
mod obstacle;
mod shown;
mod standing;

pub use content::{Content, content};
pub use creator::{named_otherwise, reviewed};
pub use obstacle::{Intent, obstacles};
pub use shown::shown;
pub use standing::{SignOffState, Standing, Status, SuppliedLists, judged_with, standing, standing_by};
