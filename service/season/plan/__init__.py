"""What a system asks for, with dates: tasks, materials, hay, the morning card."""
