//! Tests of sign-offs. Those of signatures run the real `ssh-keygen` with keys made for the test.

mod attacks;
mod bench;
mod interoperability;
mod judgement;
mod layout;
mod lists;
mod signing;
mod windows;
