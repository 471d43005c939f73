// note: 0,10,20 | 6 | 3
var steps = new List<Func<int>>();
for (int i = 0; i < 3; i++)
{
    int own = i * 10;
    steps.Add(() => own);
}

int total = 0;
Action<int> add = n => total += n;
foreach (int n in new[] { 1, 2, 3 })
{
    add(n);
}

Func<Func<int>> counter = () =>
{
    int count = 0;
    return () => ++count;
};
var next = counter();
next();
next();
Report.Note($"{string.Join(',', steps.Select(step => step()))} | {total} | {next()}");
