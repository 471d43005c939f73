// R4004
string s = "x";
for (int i = 0; i < 40; i++)
{
    s += s;
}
