// What most pages need. Every page reaches all of it (build.mjs sees to that), so that it is one file and not one for each
// set of pages that share something: a slow network waits for the number of files more than for their size.
import "lit";
import "lit/decorators.js";
import "./api/client";
import "./api/first_live";
import "./api/live_feed";
import "./parts/part";
import "./parts/share_figure";
import "./parts/signs";
import "./places";
import "./words/words";
