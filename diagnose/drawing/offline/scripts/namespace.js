"use strict";

/** The one name that the page's scripts share; each script hangs what others use on it. */
const Diagnose = {};

/** What was asked of a walk is not possible where it stands; the message says what is. */
Diagnose.NotNow = class NotNow extends Error {};

/** A reading that cannot be; the message says what would be one. */
Diagnose.BadReading = class BadReading extends Error {};
