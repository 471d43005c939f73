// R2002
string s = string.Intern("wing");
