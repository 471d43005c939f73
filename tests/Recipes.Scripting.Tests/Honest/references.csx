// note: 9 2,9,3 5 7 2
void Work()
{
    int[] all = [1, 2, 3];
    ref int Middle(int[] of) => ref of[1];
    Middle(all) = 9;
    ref int first = ref all[0];
    first++;
    void Swap(ref int a, ref int b) => (a, b) = (b, a);
    int x = 7, y = 5;
    Swap(ref x, ref y);
    bool Half(in int n, out int half) => (half = n / 2) * 2 == n;
    Half(5, out int two);
    Report.Note($"{all[1]} {string.Join(',', all)} {x} {y} {two}");
}

Work();
