"""The physics: one module a subject; each public function is one formula."""
