"""The ten questions as a form that works without scripts, and the page that it ends on."""
