"""What times say of an athlete, and how an athlete came along."""
