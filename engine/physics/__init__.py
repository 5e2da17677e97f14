"""Air, impact, flight, ground and green: physics that knows neither player nor set."""
