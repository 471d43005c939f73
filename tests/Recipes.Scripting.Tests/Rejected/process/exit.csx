// R2002
Environment.Exit(0);
