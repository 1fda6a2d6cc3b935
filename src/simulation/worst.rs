//! The moment of the cycle at which an incident does most to the sump.

