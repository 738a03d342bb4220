"""What leaves the shop on paper: the record of a blade."""
