// note: 3 letters, 2 digits, W, 7, 98
string text = "w7g-2a";
int letters = text.Count(char.IsLetter), digits = text.Count(char.IsDigit);
Report.Note($"{letters} letters, {digits} digits, {char.ToUpperInvariant(text[0])}, {text[1] - '0'}, {(int)'b'}");
