"""What a board reads with one fault, from its circuit on a cloud of virtual boards."""
