"""What a farm's recorded winters say of its own waste, minutes and damage."""
