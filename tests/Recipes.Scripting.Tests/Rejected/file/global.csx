// R2002
global::System.IO.File.Delete("/tmp/recipes-canary");
