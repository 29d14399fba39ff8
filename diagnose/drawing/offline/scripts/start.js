"use strict";

// Everything is there: the first screen.
Diagnose.visit.begin();
