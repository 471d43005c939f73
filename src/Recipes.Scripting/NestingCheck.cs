using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Microsoft.CodeAnalysis.Text;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Scripting;

/// <summary>
/// Refuses text that would exhaust the compiler, before it is parsed: the parser and binder recurse on brackets and on
/// chains of operators. Only tokens are read here, which needs no recursion but for strings within interpolated strings.
/// </summary>
internal static class NestingCheck
{
    /// <summary>The most bytes of a recipe and its snippets together, as UTF-8.</summary>
    public const int LongestSource = 64 * 1024;

    /// <summary>The most brackets open at once.</summary>
    public const int DeepestNesting = 64;

    /// <summary>The most operators of one expression.</summary>
    public const int LongestChain = 500;

    /// <summary>The most brackets within one interpolated string.</summary>
    public const int MostInStrings = 256;

    /// <summary>The most words and signs within one interpolated string.</summary>
    public const int MostWordsInStrings = 2000;

    /// <summary>The most brackets and operators in the condition of one directive; those are read by recursion, too.</summary>
    public const int MostInDirectives = 64;

    /// <summary>The most <c>else</c> of one file; each nests into the one before.</summary>
    public const int MostElse = 256;

    public static List<Problem> Judge(CompileRequest request)
    {
        long bytes = System.Text.Encoding.UTF8.GetByteCount(request.Source)
            + request.Loads.Sum(load => (long)System.Text.Encoding.UTF8.GetByteCount(load.Text));
        if (bytes > LongestSource)
        {
            return [TooLarge($"The recipe and its snippets are {bytes} bytes long; {LongestSource} is the most.", new Place(CompileRequest.RecipeFile))];
        }

        List<Problem> problems = [.. Judge(CompileRequest.RecipeFile, request.Source)];
        problems.AddRange(request.Loads.SelectMany(load => Judge(load.Name, load.Text)));
        return problems;
    }

    private static IEnumerable<Problem> Judge(string file, string text)
    {
        var lines = SourceText.From(text).Lines;
        if (LongDirective(lines) is { } directive)
        {
            yield return TooLarge($"A directive has more than {MostInDirectives} brackets and operators.", new Place(file, directive.LineNumber + 1, 1));
            yield break;
        }

        var nesting = new Nesting();
        foreach (var token in SyntaxFactory.ParseTokens(text, options: ScriptText.ParseOptions))
        {
            nesting.Take(token);
            if (nesting.Excess(token) is { } why)
            {
                var at = lines.GetLinePosition(token.SpanStart);
                yield return TooLarge(why, new Place(file, at.Line + 1, at.Character + 1));
                yield break;
            }
        }
    }

    // Judged before the first token is read: the reader of tokens reads directives on the way.
    private static TextLine? LongDirective(TextLineCollection lines)
    {
        foreach (var line in lines)
        {
            var text = line.Text!.ToString(line.Span).AsSpan().TrimStart();
            if (text.StartsWith("#") && text.CountAny("(!&|=") > MostInDirectives)
            {
                return line;
            }
        }

        return null;
    }

    private static int WordsAndSigns(string text)
    {
        int count = 0;
        bool inWord = false;
        foreach (char c in text)
        {
            bool isWord = char.IsLetterOrDigit(c) || c == '_';
            count += isWord ? inWord ? 0 : 1 : char.IsWhiteSpace(c) ? 0 : 1;
            inWord = isWord;
        }

        return count;
    }

    private static bool IsInterpolated(SyntaxToken token) =>
        token.Text.Length > 2 && (token.Text[0] == '$' || token.Text.StartsWith("@$", StringComparison.Ordinal));

    private static Problem TooLarge(string message, Place where) =>
        new(Codes.TooLarge, message, "Split it into smaller steps with variables of their own.", where);

    // What is open at a token, and how long what it stands in has become.
    private sealed class Nesting
    {
        private readonly Stack<SyntaxKind> open = new();
        private int chain, angles, elses;
        private bool orders, followsOperand;

        public void Take(SyntaxToken token)
        {
            bool isWord = token.IsKind(SyntaxKind.IdentifierToken);
            orders |= isWord && token.Text == "orderby";
            orders &= token.Kind() is not (SyntaxKind.SemicolonToken or SyntaxKind.OpenBraceToken or SyntaxKind.CloseBraceToken);
            switch (token.Kind())
            {
                case SyntaxKind.OpenParenToken:
                    open.Push(SyntaxKind.CloseParenToken);
                    chain++;
                    break;
                case SyntaxKind.OpenBracketToken:
                    open.Push(SyntaxKind.CloseBracketToken);
                    chain++;
                    break;
                case SyntaxKind.OpenBraceToken:
                    open.Push(SyntaxKind.CloseBraceToken);
                    chain = angles = 0;
                    break;
                case SyntaxKind.CloseParenToken or SyntaxKind.CloseBracketToken:
                    Close(token);
                    break;
                case SyntaxKind.CloseBraceToken:
                    Close(token);
                    chain = angles = 0;
                    break;
                // Those of for (;;) end nothing.
                case SyntaxKind.SemicolonToken when !open.TryPeek(out var closing) || closing == SyntaxKind.CloseBraceToken:
                    chain = angles = 0;
                    break;
                // Each key of an orderby nests into the one before.
                case SyntaxKind.CommaToken when !orders:
                    chain = 0;
                    break;
                case SyntaxKind.LessThanToken:
                    angles++;
                    break;
                case SyntaxKind.ElseKeyword:
                    elses++;
                    break;
                // not not not …, is 1 or 2 or …, where a where b …: words of the language that are only words here.
                case SyntaxKind.IdentifierToken when followsOperand:
                    chain++;
                    break;
                case SyntaxKind.IdentifierToken or SyntaxKind.NumericLiteralToken or SyntaxKind.StringLiteralToken or SyntaxKind.CharacterLiteralToken:
                    break;
                default:
                    chain++;
                    break;
            }

            followsOperand = isWord || token.Kind() is SyntaxKind.NumericLiteralToken or SyntaxKind.StringLiteralToken or SyntaxKind.CharacterLiteralToken;
        }

        public string? Excess(SyntaxToken token) => token switch
        {
            _ when open.Count > DeepestNesting => $"Brackets nest more than {DeepestNesting} deep.",
            _ when chain > LongestChain || angles > LongestChain => $"An expression has more than {LongestChain} operators.",
            _ when elses > MostElse => $"A file has more than {MostElse} else branches.",
            _ when !IsInterpolated(token) => null,
            _ when token.Text.AsSpan().CountAny("([{") > MostInStrings => $"An interpolated string has more than {MostInStrings} brackets.",
            _ when WordsAndSigns(token.Text) > MostWordsInStrings => $"An interpolated string has more than {MostWordsInStrings} words and signs.",
            _ => null,
        };

        // A bracket that closes nothing of its kind leaves the nesting as it is, as the parser's recovery does.
        private void Close(SyntaxToken token)
        {
            if (open.TryPeek(out var closing) && token.IsKind(closing))
            {
                open.Pop();
            }
        }
    }
}
