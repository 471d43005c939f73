using System.Collections.Immutable;
using Recipes.Hosting.Words;
using Recipes.Problems;
using Recipes.Protocol;

namespace Recipes.Hosting.Workers;

/// <summary>Takes a worker's answers as what they are: data from a stranger.</summary>
internal static class WorkerAnswer
{
    private const int MostProblems = 20;

    /// <summary>
    /// The problems that a worker tells, cleaned and bounded. A code that the worker may not use becomes a malformed reply.
    /// </summary>
    /// <param name="messages">As told.</param>
    /// <param name="place">The host's place for a problem; the worker's file names are only hints.</param>
    /// <param name="family">What its codes must start with.</param>
    public static ProblemException Problems(ImmutableArray<ProblemMessage> messages, Func<ProblemMessage, Place?> place, string family)
    {
        var problems = messages.Take(MostProblems).Select(message =>
        {
            var code = Codes.All.FirstOrDefault(code => code.Id == message.Code && code.Id.StartsWith(family, StringComparison.Ordinal))
                ?? throw new FrameException("The worker told a problem with a code that isn't its own.");
            return new Problem(code, CleanText.Line(message.Message, 600), CleanText.Line(message.Hint, 400), place(message));
        });
        return new ProblemException([.. problems]);
    }

    /// <summary>Builds something of a reply; what doesn't fit together is a malformed reply.</summary>
    public static T Build<T>(Func<T> build)
    {
        try
        {
            return build();
        }
        catch (ArgumentException e)
        {
            throw new FrameException(e.Message);
        }
    }
}
