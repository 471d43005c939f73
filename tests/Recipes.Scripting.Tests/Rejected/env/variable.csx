// R2002
string home = Environment.GetEnvironmentVariable("HOME");
