"""What a shop keeps, one file each: people · tools · legs · programme · password."""
