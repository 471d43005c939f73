// R2002
Environment.FailFast("gone");
