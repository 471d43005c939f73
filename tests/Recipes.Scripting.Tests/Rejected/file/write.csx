// R2002
System.IO.File.WriteAllText("/tmp/recipes-canary", "x");
