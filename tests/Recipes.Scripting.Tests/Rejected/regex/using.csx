// R2002
using System.Text.RegularExpressions;
bool b = Regex.IsMatch("a", "a");
