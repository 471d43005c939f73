using System.Text;
using Microsoft.CodeAnalysis;
using Microsoft.CodeAnalysis.CSharp;
using Recipes.Problems;

namespace Recipes.Scripting;

/// <summary>
/// Refuses text that reads otherwise than it is compiled: hidden characters anywhere, and outside of texts and comments whatever isn't ASCII, where
/// letters of other scripts pass for those of this one.
/// </summary>
internal static class CharacterCheck
{
    public static IEnumerable<Problem> Judge(SyntaxTree tree) => Hidden(tree).Concat(Foreign(tree));

    private static IEnumerable<Problem> Hidden(SyntaxTree tree)
    {
        string text = tree.GetText().ToString();
        for (int at = 0; at < text.Length;)
        {
            bool whole = Rune.TryGetRuneAt(text, at, out var rune);
            // Alone it ends a line for the compiler, and most editors go on in the same one.
            bool turn = rune.Value == '\r' && (at + 1 == text.Length || text[at + 1] != '\n');
            if (!whole || turn || HiddenCharacters.Holds(rune))
            {
                yield return Problem(tree, at, whole ? $"The hidden character {HiddenCharacters.NameOf(rune)}" : "Half a character",
                    "Take it out; in a text, write it as \\u and its four digits where it must be.");
            }

            at += whole ? rune.Utf16SequenceLength : 1;
        }
    }

    private static IEnumerable<Problem> Foreign(SyntaxTree tree)
    {
        foreach (var token in tree.GetRoot().DescendantTokens(descendIntoTrivia: true))
        {
            if (token.IsKind(SyntaxKind.IdentifierToken) && (!Ascii.IsValid(token.ValueText) || token.Text.Contains('\\', StringComparison.Ordinal)))
            {
                yield return Problem(tree, token.SpanStart, "A name with other letters than a to z",
                    "Spell it with the letters a to z, digits and _; texts and comments may hold any letters.");
            }

            // Spaces of other widths, which look like those that separate words.
            foreach (var trivia in token.LeadingTrivia.Concat(token.TrailingTrivia)
                .Where(trivia => trivia.IsKind(SyntaxKind.WhitespaceTrivia) && !Ascii.IsValid(trivia.ToString())))
            {
                yield return Problem(tree, trivia.SpanStart, "A space of another kind", "Type an ordinary space.");
            }
        }
    }

    private static Problem Problem(SyntaxTree tree, int at, string what, string instead) =>
        new(Codes.ForbiddenConstruct, $"{what} can't be used in a recipe.", instead, ScriptText.PlaceOf(Location.Create(tree, new(at, 0))));
}
