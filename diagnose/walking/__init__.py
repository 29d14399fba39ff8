"""One walk along a route with one vehicle, as a state machine without a screen."""
