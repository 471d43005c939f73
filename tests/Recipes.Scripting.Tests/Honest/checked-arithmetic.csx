// note: -2147483648 overflow 44 overflow
int big = int.MaxValue;
string said = $"{unchecked(big + 1)}";
try
{
    big = checked(big + 1);
}
catch (OverflowException)
{
    said += " overflow";
}

int level = 300;
said += $" {unchecked((byte)level)}";
try
{
    byte b = (byte)level;
}
catch (OverflowException)
{
    said += " overflow";
}

Report.Note(said);
