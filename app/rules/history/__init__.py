"""Where the food went and what it went through: holders, movements, time out of temperature."""
