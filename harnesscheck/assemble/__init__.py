"""One car out of two, and one car after work was done on it: both ordinary vehicles."""
