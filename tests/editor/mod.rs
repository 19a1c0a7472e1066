//! `kneemark lsp` by a scripted editor over a pipe, and the highlighting.

mod answers;
mod client;
mod company;
mod conversation;
mod highlight;
mod hostile;
mod together;
mod told;
