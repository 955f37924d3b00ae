//! All edges of a graph in as few unbroken trails as can be.

/// Edges in an order, each with whether it is gone along from its second
/// vertex to its first, so that as many as can be begin where the one before
/// ended; the first begins at `start` where that costs no break elsewhere.
///
/// Exact: each connected part takes half as many trails as it has odd
/// vertices, or one if it has none, and no fewer can do (Euler). The odd
/// vertices but two are joined in pairs by edges of air, one tour is walked
/// (Hierholzer, 1873), and it is broken where it goes through air.
pub(super) fn trails(edges: &[(usize, usize)], start: usize) -> Vec<(usize, bool)> {
    let mut parts = parts(edges);
    // The part that can begin at `start` goes first.
    parts.sort_by_key(|part| !part.begins_at(edges, start));
    let mut order = Vec::with_capacity(edges.len());
    for part in &parts {
        part.walk(edges, start, &mut order);
    }
    order
}

/// Edges that hang together.
struct Part {
    edges: Vec<usize>,
    vertices: Vec<usize>,
}

fn parts(edges: &[(usize, usize)]) -> Vec<Part> {
    let mut parts: Vec<Part> = Vec::new();
    for (edge, &(a, b)) in edges.iter().enumerate() {
        let mut joined = Part {
            edges: vec![edge],
            vertices: vec![a],
        };
        if a != b {
            joined.vertices.push(b);
        }
        let (touching, apart): (Vec<Part>, Vec<Part>) = parts
            .into_iter()
            .partition(|part| part.vertices.contains(&a) || part.vertices.contains(&b));
        for part in touching {
            joined.edges.extend(part.edges);
            for vertex in part.vertices {
                if !joined.vertices.contains(&vertex) {
                    joined.vertices.push(vertex);
                }
            }
        }
        parts = apart;
        parts.push(joined);
    }
    for part in &mut parts {
        part.edges.sort_unstable();
        part.vertices.sort_unstable();
    }
    parts.sort_by_key(|part| part.edges.first().copied());
    parts
}

impl Part {
    fn odd(&self, edges: &[(usize, usize)]) -> Vec<usize> {
        let ends = |vertex: usize| {
            let all = self.edges.iter().filter_map(|edge| edges.get(*edge));
            all.map(|&(a, b)| usize::from(a == vertex) + usize::from(b == vertex))
                .sum::<usize>()
        };
        let odd = |vertex: &usize| ends(*vertex) % 2 == 1;
        self.vertices.iter().copied().filter(odd).collect()
    }

    fn begins_at(&self, edges: &[(usize, usize)], start: usize) -> bool {
        let odd = self.odd(edges);
        self.vertices.contains(&start) && (odd.is_empty() || odd.contains(&start))
    }

    /// Walks all edges, air too, and puts the real ones to `order`.
    fn walk(&self, edges: &[(usize, usize)], start: usize, order: &mut Vec<(usize, bool)>) {
        let mut odd = self.odd(edges);
        odd.sort_by_key(|vertex| *vertex != start);
        let first = match odd.first() {
            Some(vertex) => *vertex,
            None if self.vertices.contains(&start) => start,
            None => self.vertices.first().copied().unwrap_or(start),
        };
        let real = self.edges.iter().filter_map(|edge| {
            let &(a, b) = edges.get(*edge)?;
            Some((Some(*edge), a, b))
        });
        let mut left: Vec<(Option<usize>, usize, usize)> = real.collect();
        let inner = odd.get(1..odd.len().saturating_sub(1)).unwrap_or_default();
        left.extend(inner.chunks_exact(2).filter_map(|pair| match pair {
            &[a, b] => Some((None, a, b)),
            _ => None,
        }));
        let mut tour = Vec::with_capacity(left.len());
        // Where it stands, and the edge that led there with the way it was gone.
        let mut path = vec![(first, None::<(Option<usize>, bool)>)];
        while let Some(&(vertex, by)) = path.last() {
            let next = left
                .iter()
                .position(|&(_, a, b)| a == vertex || b == vertex);
            if let Some(next) = next {
                let (edge, a, b) = left.remove(next);
                let back = a != vertex;
                path.push((if back { a } else { b }, Some((edge, back))));
            } else {
                path.pop();
                tour.extend(by);
            }
        }
        tour.reverse();
        order.extend(
            tour.into_iter()
                .filter_map(|(edge, back)| Some((edge?, back))),
        );
    }
}
