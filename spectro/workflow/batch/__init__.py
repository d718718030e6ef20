"""Many tasks in one go, on this machine's cores or a cluster's."""
