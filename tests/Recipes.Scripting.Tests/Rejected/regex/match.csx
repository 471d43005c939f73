// R2002
bool b = System.Text.RegularExpressions.Regex.IsMatch("aaaa!", "^(a+)+$");
