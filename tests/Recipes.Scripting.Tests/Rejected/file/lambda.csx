// R2002
Action<string> drop = path => System.IO.File.Delete(path);
drop("/tmp/recipes-canary");
