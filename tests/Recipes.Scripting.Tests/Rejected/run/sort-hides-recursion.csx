// R4005
record Deep { public Deep Inside; }
var two = new List<int> { 2, 1 };
Deep chain = null;
for (int i = 0; i < 1000000; i++)
{
    chain = new Deep { Inside = chain };
}

try
{
    two.Sort((a, b) => chain.ToString().Length);
}
catch (InvalidOperationException)
{
    Report.Note("went on");
}
