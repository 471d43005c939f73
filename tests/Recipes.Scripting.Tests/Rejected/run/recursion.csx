// R4005
int Down(int n) => Down(n + 1) + 1;
Report.Note($"{Down(0)}");
