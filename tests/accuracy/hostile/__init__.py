"""Some 300 takes nobody should send, made in code: each must end in a sentence or a valid document."""
