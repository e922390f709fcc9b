"""Many donors for one shell: which of a folder of cars fit best, shortlisted by what they hold and then judged."""
