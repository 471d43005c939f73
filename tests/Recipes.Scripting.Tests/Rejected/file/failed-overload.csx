// R2002 no-assembly
System.IO.File.WriteAllText("/tmp/recipes-canary");
