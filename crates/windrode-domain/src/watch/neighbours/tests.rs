//! What is true of the watch over the neighbours.
