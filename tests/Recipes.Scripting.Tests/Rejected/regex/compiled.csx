// R2002
new System.Text.RegularExpressions.Regex("x", System.Text.RegularExpressions.RegexOptions.Compiled);
