//! Frames by exact index, proxies, cut-ups; the only place that runs the video tool.
