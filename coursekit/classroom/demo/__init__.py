"""The invented class that shows the whole course at work. Nobody in it is real, and no reading is."""
