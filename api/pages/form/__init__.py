"""The project form: what the model of the project file says, as fields to be typed into, and back."""
