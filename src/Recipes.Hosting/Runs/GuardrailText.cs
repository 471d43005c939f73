using Recipes.Hosting.Words;
using Recipes.Imaging;
using Recipes.Problems;

namespace Recipes.Hosting.Runs;

/// <summary>Policies of guardrails as people and reports write them.</summary>
public static class GuardrailText
{
    /// <summary>Reads policies as <c>name=policy</c>; the others keep their defaults.</summary>
    /// <exception cref="ProblemException">R1010 the guardrail or its policy is unknown.</exception>
    public static Guardrails Read(IEnumerable<string> options)
    {
        ArgumentNullException.ThrowIfNull(options);
        var guardrails = Guardrails.Default;
        foreach (string option in options)
        {
            string[] parts = option.Split('=', 2);
            if (!Guardrails.Names.Contains(parts[0]))
            {
                throw new ProblemException(
                    Codes.BadGuard, $"There is no guardrail '{CleanText.Line(parts[0], 60)}'.", Suggestion.Hint(parts[0], [.. Guardrails.Names]));
            }

            var policy = Enum.GetValues<GuardPolicy>().Cast<GuardPolicy?>().FirstOrDefault(value => parts.Length == 2 && EnumWord.Of(value!.Value) == parts[1]);
            if (policy is not { } known || !Guardrails.Knows(parts[0], known))
            {
                var takes = Enum.GetValues<GuardPolicy>().Where(value => Guardrails.Knows(parts[0], value)).Select(EnumWord.Of);
                throw new ProblemException(
                    Codes.BadGuard, $"The guardrail '{parts[0]}' takes {string.Join(" or ", takes)}.", $"Write --guard {parts[0]}=allow, for instance.");
            }

            guardrails = guardrails.With(parts[0], known);
        }

        return guardrails;
    }
}
