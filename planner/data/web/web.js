"use strict";
// One small script of ours: what a page cannot do alone. Every page works without it.
