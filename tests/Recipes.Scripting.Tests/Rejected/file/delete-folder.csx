// R2002
System.IO.Directory.Delete("/tmp/recipes-canary", true);
