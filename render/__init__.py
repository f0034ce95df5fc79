"""The sheets of netdsl: drawings and lists of a network as display lists in millimetres, and the files they are written to."""
