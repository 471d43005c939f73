// R2002
string s = string.Create(3, 1, (span, _) => span.Fill('x'));
