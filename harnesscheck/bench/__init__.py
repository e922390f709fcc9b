"""At the bench: trace a circuit, find a fault, ring the job out, power it up."""
