// note: 0 2 4 | 10 | 3 2 1 | 1
string evens = "";
for (int i = 0; i < 6; i++)
{
    if (i % 2 == 1)
    {
        continue;
    }

    evens += $"{i} ";
}

int sum = 0, k = 0;
while (true)
{
    if (++k > 4)
    {
        break;
    }

    sum += k;
}

string down = "";
int n = 3;
do
{
    down += $"{n} ";
}
while (--n > 0);
int once = 0;
foreach (var _ in new[] { 1 })
{
    once++;
}

Report.Note($"{evens}| {sum} | {down}| {once}");
