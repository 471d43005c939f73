// R2002
string who = Environment.CommandLine + Environment.UserName + Environment.MachineName;
