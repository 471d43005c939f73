// note: 6 10 720
static int Triangle(int n)
{
    return Sum(n);

    static int Sum(int k) => k == 0 ? 0 : k + Sum(k - 1);
}

static long Product(params int[] all) => all.Aggregate(1L, (product, n) => product * n);
Report.Note($"{Triangle(3)} {Triangle(4)} {Product(8, 9, 10)}");
