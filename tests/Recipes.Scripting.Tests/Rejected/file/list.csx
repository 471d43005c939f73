// R2002
int seen = System.IO.Directory.EnumerateFiles("/").Count();
