"""Lists that a person ticks, and what is looked up for them: below the decision and the bench, which both fill some."""
